"""What-ifs in words, cells and charts."""
