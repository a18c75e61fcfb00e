"""Help on the present screen."""
