"""Streams: whole, or not at all; "-" for a file; nothing overwritten that nobody wished away."""

import pytest

from tapewright.faces.cli import streams


@pytest.mark.parametrize("ended", [KeyboardInterrupt(), OSError(28, "No space left on device")])
def test_what_was_interrupted_leaves_no_draft(tmp_path, ended):
    def prepare(draft):
        draft.write_bytes(b"half")
        raise ended

    with pytest.raises(type(ended)):
        streams.write_whole(tmp_path / "all.json", b"whole", prepare)
    assert list(tmp_path.iterdir()) == []
