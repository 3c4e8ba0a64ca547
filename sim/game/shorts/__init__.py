"""The moment of a short: how it burns, what lies at the bridged place, where its words stand."""
