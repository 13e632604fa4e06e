"""What is due on a machine, the kit for it, stock, prices and orders."""
