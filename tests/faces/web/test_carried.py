"""A rig that goes along: its pack at an address, and the page that tells and takes groups."""

import pytest


def test_the_pack_names_rig_version_and_set_up(client, rig_id):
    pack = client.get(f"/api/rigs/{rig_id}/pack").json()
    assert pack["rig_id"] == rig_id
    assert pack["rig_number"] == 1
    assert pack["setup"] == 0
    assert pack["unit"] == "yd"
    assert pack["made_at"].endswith("+00:00")
    fit = client.get(f"/api/rigs/{rig_id}/calibration").json()
    assert pack["fingerprint"] == fit["fingerprint"]
    assert client.get(f"/api/rigs/{rig_id}/pack?units=metric").json()["unit_m"] == 1.0


@pytest.mark.parametrize("way", ["/pack"])
def test_a_stopped_rig_does_not_go_along(client, rig_id, way):
    kept = client.get(f"/api/rigs/{rig_id}").json()
    light = kept["sheet"].replace('mass = "420 gr', 'mass = "150 gr')
    assert light != kept["sheet"]
    body = {"sheet": light, "seen": kept["number"]}
    assert client.put(f"/api/rigs/{rig_id}", json=body).status_code == 200
    refused = client.get(f"/api/rigs/{rig_id}{way}")
    assert refused.status_code == 422
    assert "STOP" in refused.text or "must not" in refused.text
