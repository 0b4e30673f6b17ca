"""The page on the room."""

from science_spec import Page

PAGE = Page(
    title="The room",
    modules=("room",),
    files=("room.csv",),
    intro=(
        "The balance of water and heat of a room with wet objects in it: what they give, what the "
        "air changes carry away, what machines take out.",
    ),
)
