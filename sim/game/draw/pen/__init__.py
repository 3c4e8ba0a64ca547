"""What everything is drawn with: the pen, kept drawings, and parts that panels and papers have in common."""
