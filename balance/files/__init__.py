"""Files on disk to records, and every fault in them reported together."""
