"""What sleeves' and ribs' welds do to the pads once the stitches are cold."""
