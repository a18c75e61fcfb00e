"""What a recommendation asks for: the changes from the start in their order, the danger on the way, mounts, the next best."""
