"""What each page shows: pure functions from the domain's values to views, tested without HTTP."""
