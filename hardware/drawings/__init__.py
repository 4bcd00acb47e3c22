"""The drawings of the wiring guide, made by `python -m hardware.drawings`."""
