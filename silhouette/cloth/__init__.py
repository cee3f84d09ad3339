"""What cloth makes of a figure: foam, hoops and the shell over them. Nothing here judges."""
