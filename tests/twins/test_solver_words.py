"""What compiled code writes to standard output while a recipe is chosen stays out of answers."""

import subprocess
import sys

CODE = """
import ctypes
from heapwright.mixing.solver_words import away_from_answers
c = ctypes.CDLL(None)
print("before", flush=True)
with away_from_answers():
    c.puts(b"a remark of the solver")
print("after", flush=True)
"""


def test_remarks_of_compiled_code_go_to_standard_error() -> None:
    done = subprocess.run([sys.executable, "-c", CODE], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["before", "after"]
    assert done.stderr.strip() == "a remark of the solver"


def test_process_without_standard_output_still_works() -> None:
    code = f"import os; os.close(1); os.close(2)\n{CODE.replace('print', 'str.strip')}"
    code = code.replace(", flush=True", "")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == ""
