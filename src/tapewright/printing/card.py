"""Card: how a range card is printed; what it shows is a question's (questions/card.py).

Holds:  its fields beside those of the question.
Never:  rows, drawing.
"""

from tapewright.questions.question import Field

SIZES = Field(
    "sizes", "Size", "both", choices=("both", "pocket", "page"),
    choice_words=("Full page and pocket card", "Pocket card, to fold", "Full page"),
)  # fmt: skip
ONE_SIZE = Field("size", "Size", "page", choices=("page", "pocket"))
SIZES_OF = {"both": ("page", "pocket"), "page": ("page",), "pocket": ("pocket",)}
