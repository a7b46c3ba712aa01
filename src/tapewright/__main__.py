"""Main: lets ``python -m tapewright`` open the command line.

Holds:  one call.
Never:  anything else.
"""

from tapewright.faces.cli.commands import main

main()
