"""TOML read with every fault, and changed without touching what else stands in it."""
