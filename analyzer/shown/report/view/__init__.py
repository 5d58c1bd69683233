"""The page's plain strings, gathered from what was judged."""
