from tapewright.faces.errands.every import ALL

WITHOUT_DISTANCES = {"group", "plan"}


def test_every_question_says_which_fields_hold_its_distances_and_which_it_needs():
    for errand in ALL:
        names = {one.name for one in errand.fields}
        assert set(errand.needs) <= names
        if errand.name not in WITHOUT_DISTANCES:
            assert errand.where in names
