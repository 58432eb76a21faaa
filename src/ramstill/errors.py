"""What a user did that cannot be worked with, said in one line."""


class InputError(Exception):
    """Bad input from a user. The command line prints it as one line and leaves with exit code 2.

    `source` is a file, an option or an argument; `field` the line or field in it; `read` what stood there;
    `allowed` what may stand there.
    """

    def __init__(self, source: str, field: str, read: object, allowed: str) -> None:
        self.source, self.field, self.read, self.allowed = str(source), field, read, allowed
        super().__init__(self.line())

    def line(self) -> str:
        where = f"{self.source}: {self.field}" if self.field else self.source
        return " ".join(f"{where}: read {self.read!s}; allowed: {self.allowed}".split())
