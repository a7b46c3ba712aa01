"""Start: where the packed program begins.

Holds:  one call.
Never:  anything else.
"""

from tapewright.faces.cli.packed_program import main

main()
