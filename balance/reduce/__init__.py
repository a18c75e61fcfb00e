"""From what was read to area coefficients, their scatter, and draws."""
