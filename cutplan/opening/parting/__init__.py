"""The waste parted into sections: places, search, and what no plan can beat."""
