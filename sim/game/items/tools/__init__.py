"""What is taken in hand to look and to measure, and the dial of time."""
