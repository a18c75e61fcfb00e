"""What everything stands on: records, errors, the registries of quantities and columns, the vocabulary."""
