import pytest

from tapewright.ground.errors import MissingExtra
from tapewright.photograph.vision import vision


def test_what_is_not_installed_names_the_extra():
    assert vision().imencode
    with pytest.raises(MissingExtra, match=r"run --with photo$"):
        vision("no_such_library_anywhere")
