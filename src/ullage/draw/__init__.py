"""Pictures: take results, return SVG."""
