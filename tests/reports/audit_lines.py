"""Results of an invented class, of which the audit tells."""

import json

from grader.marking.marks import CORRECT, INCORRECT

HOSTILE = "</style></script><script>alert(1)</script>"


def line(student, item, verdict=INCORRECT, awarded=0.0, possible=2.0, **more):
    return {
        "student": student, "section": more.pop("section", ""), "problem": "valve", "item": item,
        "answer": more.pop("answer", "7 ms"), "awarded": awarded, "possible": possible, "verdict": verdict, **more,
    }  # fmt: skip


def folder(path, lines):
    path.mkdir(parents=True, exist_ok=True)
    text = "".join(json.dumps(record, ensure_ascii=False) + "\n" for record in lines)
    path.joinpath("marks.jsonl").write_text(text, encoding="utf-8")
    return path


def class_of(number, wrong=4):
    """A class in which the first `wrong` students turn the time constant upside down."""
    lines = []
    for n in range(number):
        student = f"S{n:03d}"
        lines.append(line(student, "final", CORRECT, 2.0, answer="2 A", section="AB"[n % 2]))
        if n < wrong:
            lines.append(
                line(student, "tau", answer="100", mistakes=["rl-time-constant-inverted"], section="AB"[n % 2])
            )
        else:
            lines.append(line(student, "tau", CORRECT, 2.0, answer="10 ms", section="AB"[n % 2]))
    return lines


def unexplained(*pairs, item="tau"):
    return [line(student, item, answer=answer, reading_value=value) for student, answer, value in pairs]
