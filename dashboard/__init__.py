"""The pages and the JSON in which people and programs read the shelf: an app factory, pure views, own drawings."""
