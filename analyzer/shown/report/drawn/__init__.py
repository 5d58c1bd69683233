"""The page's drawings as SVG."""
