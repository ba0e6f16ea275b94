"""A rig that photographs a card that does not exist: exact scenes rendered to JPEG, for judging the tracing.

Nothing here uses the camera, edge or fitting code of the package: the lens is another formula (rays from pixels by a
polynomial in the distorted radius), the card is drawn from its exact outline.
"""
