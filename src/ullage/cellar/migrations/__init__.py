"""How a store of an earlier release becomes one of this release, step by step."""
