"""Calls in a source that touch a file or a folder, or ask the clock."""

from __future__ import annotations

import ast

# What nobody calls by such a name but to touch a file or a folder, or to ask the clock.
FILES = {
    "open",
    "read_text",
    "read_bytes",
    "write_text",
    "write_bytes",
    "loadtxt",
    "genfromtxt",
    "fromfile",
    "memmap",
    "open_memmap",
    "tofile",
    "savetxt",
    "savez",
    "savez_compressed",
    "exists",
    "is_file",
    "is_dir",
    "iterdir",
    "glob",
    "rglob",
    "iglob",
    "stat",
    "lstat",
    "unlink",
    "mkdir",
    "rmdir",
    "touch",
    "listdir",
    "scandir",
    "getenv",
}
CLOCK = {
    "now",
    "utcnow",
    "today",
    "localtime",
    "gmtime",
    "monotonic",
    "perf_counter",
    "process_time",
    "time_ns",
    "monotonic_ns",
}
# Names that mean it of these modules alone: `x.load(...)` may be a load on a panel.
OF_MODULES = {
    "load": {"np", "numpy", "tomllib", "json", "pickle", "marshal"},
    "save": {"np", "numpy"},
    "dump": {"json", "pickle", "marshal"},
    "time": {"time"},
    "sleep": {"time"},
    "walk": {"os"},
}


def reads(tree: ast.Module) -> list[str]:
    """Line and name of each, also where the name was read in from a module."""
    found = []
    brought = {
        a.asname or a.name: (node.module or "", a.name)
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom)
        for a in node.names
    }
    called = {
        a.asname: a.name
        for node in ast.walk(tree)
        if isinstance(node, ast.Import)
        for a in node.names
        if a.asname
    }
    for node in ast.walk(tree):
        match node:
            case ast.Call(func=ast.Attribute(attr=name, value=owner)):
                of = ast.unparse(owner)
                of = called.get(of, of)
            case ast.Call(func=ast.Name(id=name)):
                of, name = brought.get(name, ("", name))
            case _:
                continue
        if name in FILES | CLOCK or of in OF_MODULES.get(name, ()):
            found.append(f"{node.lineno} {name}()")
    return found
