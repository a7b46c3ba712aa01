"""The list of rigs and the page of one."""


def test_an_empty_notebook_shows_the_way_in(client):
    page = client.get("/rigs")
    assert page.status_code == 200
    assert "Describe my rig" in page.text
    assert "invented sample rig" in page.text


def test_a_rig_in_the_list_says_how_far_it_is_trusted(client, rig_id):
    page = client.get("/rigs").text
    assert "Heron (invented)" in page
    assert "trusted to 91 yd" in page
    assert f'href="/rigs/{rig_id}"' in page


def test_a_rig_is_found_by_part_of_its_name(client, rig_id):
    assert rig_id in client.get("/rigs?find=hero").text
    assert "No rig's name holds" in client.get("/rigs?find=<b>").text
    assert "<b>" not in client.get("/rigs?find=<b>").text


def test_a_rig_put_aside_leaves_the_list_and_comes_back(client, rig_id):
    assert client.post(f"/rigs/{rig_id}/withdraw", data={"seen": "1"}).status_code == 303
    assert rig_id not in client.get("/rigs").text
    assert client.post(f"/rigs/{rig_id}/restore", data={"seen": "1"}).status_code == 303
    assert rig_id in client.get("/rigs").text


def test_a_rig_that_is_not_there_is_told_of(client):
    page = client.get("/rigs/00000000000000000000")
    assert page.status_code == 404
    assert "Traceback" not in page.text
