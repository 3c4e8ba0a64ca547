"""Track and wheels as geometry: formations, contact tables, layouts, routes. Knows nothing of electricity."""
