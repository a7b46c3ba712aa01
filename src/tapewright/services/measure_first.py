"""Measure first: what is worth measuring at home before more arrows are shot.

Holds:  whether a calibration would gain by the sight's reading per travel.
Never:  how it is measured (reading/rig_sheet_fields.py), sentences, plans.
Source: docs/reliability.md, what a line buys.
"""

from tapewright.services.calibrate import Answer

__all__ = ["gains_by_travel"]

KNOWN_TO = 0.015  # relative: a little more than the 1 % that a calliper gives


def gains_by_travel(answer: Answer) -> bool:
    """Whether measuring reading per travel to 1 % would tell more than sheet and arrows know."""
    said = answer.rig.sight.reading_per_travel
    if said is not None and said.sd is not None and said.sd <= KNOWN_TO * said.value:
        return False
    posterior = answer.posterior
    place = posterior.calibration.evidence.prior.unknowns.place("log_gain")
    return float(posterior.vectors[:, place].std()) > KNOWN_TO
