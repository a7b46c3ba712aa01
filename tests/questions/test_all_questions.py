from tapewright.questions.all_questions import all_questions

QUESTIONS = all_questions()
ALL = tuple(QUESTIONS.values())

WITHOUT_DISTANCES = {"group", "plan", "prove", "drift"}


def test_every_question_says_which_fields_hold_its_distances_and_which_it_needs():
    for question in ALL:
        names = {one.name for one in question.fields}
        assert set(question.needs) <= names
        if question.name not in WITHOUT_DISTANCES:
            assert question.where in names
