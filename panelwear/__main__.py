"""``python -m panelwear``."""

from panelwear.cli import main

raise SystemExit(main())
