"""What is worked and read by hand: meter, supply, throttle, ammeter and magnifier."""
