# The part of reportlab 4 and later that this project uses, typed.
