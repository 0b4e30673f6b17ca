"""The page on films and crevices of water."""

from science_spec import Page

PAGE = Page(
    title="Films and crevices of water",
    modules=("films",),
    files=("films.csv",),
    intro=(
        "How long a film of water on a bare surface lasts, how slowly a full crevice empties, what a slot "
        "holds back, and what warm air on bare metal asks for.",
    ),
)
