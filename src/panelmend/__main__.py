"""``python -m panelmend``, where the installed command is not on the path."""

from panelmend.app.entry import main

if __name__ == "__main__":
    main()
