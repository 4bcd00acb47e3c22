"""The station: it measures the shelf, judges it, and keeps what it saw."""
