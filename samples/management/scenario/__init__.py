"""The invented lake of the demo: its true values and the generator that samples them."""
