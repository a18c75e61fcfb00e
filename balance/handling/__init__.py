"""What axle loads do to the car: load shares, neutral-steer shift, grip surplus, onset."""
