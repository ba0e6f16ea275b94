"""The job as data: plate, holes with a purpose, joint, skin, ribs, pads, brace and the shop's own measurements."""
