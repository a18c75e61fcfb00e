"""The runs of the day and the card of the picked one."""
