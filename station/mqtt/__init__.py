"""The way to the broker: MQTT 5, at least once, in order."""

from station.mqtt.outgoing import CAPACITY
from station.mqtt.publisher import MqttPublisher

__all__ = ["CAPACITY", "MqttPublisher"]
