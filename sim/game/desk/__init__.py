"""The bench at work: what lies on it, what is under the pointer, what a click, a drag or a key on it means."""
