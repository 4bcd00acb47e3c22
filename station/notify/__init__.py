"""The way to people's phones, through the optional library apprise."""

from station.notify.publisher import PeoplePublisher

__all__ = ["PeoplePublisher"]
