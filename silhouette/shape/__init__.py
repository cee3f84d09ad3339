"""What is: body, pads, and what a taut tape reads round them."""
