"""The text of the open job file: changed in place, kept step by step, lengths spelt as the user spells them."""
