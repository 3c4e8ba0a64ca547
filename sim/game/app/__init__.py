"""The window as a program: its loop, its pages one after another, benches that stand open, what is written down."""
