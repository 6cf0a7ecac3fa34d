"""What the students of the sample section write.  All of it is invented: the students, their answers, the works.

A tuple holds an answer and what stands in the unit's own cell; a number is stored as a number.  The points that each
student should get, and why, stand in `expected.toml`.
"""

from dataclasses import dataclass
from datetime import date

VALVE = ("before", "initial", "final", "seen", "tau", "current", "at10", "energy")
RELAY = ("initial", "tau", "current", "release")
ITEMS = (*(("valve", item) for item in VALVE), *(("relay", item) for item in RELAY))


@dataclass(frozen=True)
class Formula:
    """A cell that computes: its formula, and the value or the error that the spreadsheet program stored."""

    text: str
    stored: float | str


@dataclass(frozen=True)
class Raised:
    """A text with a raised power, as the toolbar of a spreadsheet program makes it."""

    before: str
    power: str
    after: str


STUDENTS = (
    # id, name, section
    ("S0001", "Amara Okafor", "A"),
    ("S0002", "Björn Lindqvist", "B"),
    ("S0003", "Chen Yu-Ting", "A"),
    ("S0004", "Dilnoza Karimova", "A"),
    ("S0005", "Eilidh MacRae", "B"),
    ("S0006", "Fatima Zahra El Idrissi", "A"),
    ("S0007", "Giorgi Beridze", "B"),
    ("S0008", "Hanako Fujimoto", "A"),
    ("S0009", "Ibrahim Traoré", "B"),
    ("S0010", "Jana Nováková", "B"),
    ("S0011", "Kwame Boateng", "A"),
    ("S0012", "Lucía Fernández", "A"),
    ("S0013", "Mohammed Al-Harthi", "B"),
    ("S0014", "Nadia Petrova", "A"),
    ("S0015", "Oluwaseun Adeyemi", "A"),
    ("S0016", "Priya Raghunathan", "B"),
    ("S0017", "Quỳnh Trần", "B"),
    ("S0018", "Rania Haddad", "A"),
    ("S0019", "Sione Tauʻolunga", "B"),
    ("S0020", "Tomasz Wiśniewski", "B"),
    ("S0021", "Uzma Sheikh", "A"),
    ("S0022", "Viktor Ivanov", "B"),
    ("S0023", "Wanjiru Kamau", "A"),
    ("S0024", "Xavier Dubois", "B"),
    ("S0025", "Yusuf Demir", "A"),
    ("S0026", "Zanele Mokoena", "A"),
    ("S0027", "Aroha Ngata", "B"),
    ("S0028", "Bojan Jovanović", "A"),
    ("S0029", "Catarina Nogueira", "B"),
    ("S0030", "Daniyar Seitkali", "A"),
    ("S0031", "Elif Yıldız", "B"),
    ("S0032", "Finn O'Rourke", "A"),
    ("S0033", "Grace Mbeki-Larsen", "B"),
    ("S0034", "Hamza Qureshi", "A"),
    ("S0035", "Ingrid Solheim", "B"),
    ("S0036", "José Quispe", "A"),
)

A = "A"
# S0004, S0006 and S0017 take R/L for the time constant in both problems, S0018 five time constants, S0020 lets both
# exponentials grow: ideas that last.
ANSWERS = {
    # -- about a third: right, or nearly so ---------------------------------------------------------
    "S0001": (
        "2 A", "2 A", "6 A", "4 ohm", "10 ms", "6-4e^(-100t) A", "4.53 A", "0.72 J",
        "200 mA", "15 ms", "200e^(-t/15ms) mA", "20.8 ms",
    ),
    "S0002": (
        "2 A", "i(0+) = 2 A", "6,0 A", "4 Ω", "τ = 10 ms", "i(t) = 6 − 4·e⁻¹⁰⁰ᵗ A", "4,53 A", "720 mJ",
        "0,2 A", "0,015 s", "0,2·e^(−66,7·t) A", "20,8 ms",
    ),
    "S0003": (
        r"$2\,\text{A}$", r"$2\,\text{A}$", r"$6\,\mathrm{A}$", r"$2 + \frac{3\cdot 6}{3+6} = 4\,\Omega$",
        r"$\frac{L}{R} = \frac{0.04}{4} = 10\,\text{ms}$", r"$6 - 4e^{-100t}\ \mathrm{A}$",
        r"$6-4e^{-1} = 4.528\,\text{A}$", r"$\frac{1}{2}\cdot 0.04\cdot 6^2 = 0.72\,\text{J}$",
        r"$\frac{12}{60} = 0.2\,\text{A}$", r"$15\,\text{ms}$",
        r"$\frac{1}{5}\,e^{-\frac{t}{0.015}}\ \text{A}$", r"$0.015\ln 4 = 20.8\,\text{ms}$",
    ),
    "S0004": (
        ("2,00", A), ("2,00", A), ("6,00", A), ("4,00", "Ohm"), ("100,0", "s"), ("6-4*EXP(-t/100)", A),
        ("2,0004", A), ("0,720", "J"), ("0,200", A), ("66,67", "s"), ("0,2*EXP(-t/66,67)", A), ("92,42", "s"),
    ),
    "S0005": (
        (2, A), (2, A), (6, A), (Formula("2+3*6/(3+6)", 4), "ohm"), (Formula("0.04/H11", 0.01), "s"),
        ("=6-4*EXP(-100*t)", A), (Formula("6-4*EXP(-1)", 4.528482235314231), A),
        (Formula("0.5*0.04*6^2", 0.72), "J"), (Formula("12/60", 0.2), A), (Formula("2.7/180", 0.015), "s"),
        (Formula("0.2e^(-t/0.015)", "#NAME?"), A), (Formula("0.015*LN(4)", 0.020794415416798357), "s"),
    ),
    "S0006": (
        (2, A), (2, A), (6, A), (4, "Ω"), (100, "s"), ("6 A - 4 A e^(-t/(100 s))", ""), (2, ""), (0.72, "J"),
        (200, "mA"), (66.7, "s"), ("200 mA·e^(-t/(66.7 s))", ""), (92.5, "s"),
    ),
    "S0007": (
        "36/13.5 · 6/8 = 2 A", "2 A", "36/4.5*(6/8) A", "4 Ω", "1/100 s", "6-4/e^(100t) A", "4.5285 A", "18/25 J",
        "1/5 A", "3/200 s", "(1/5)e^(-200t/3) A", "0.015 ln(4) s",
    ),
    "S0008": (
        "2 A", "2 A", "6 A", "4 ohm", "10 ms", "i(inf)+[i(0)-i(inf)]e^(-t/tau)", "4.5 A", "0.72 Ws",
        "0.2 A", "15 ms", "i(0)e^(-t/tau)", "20.8ms",
    ),
    "S0009": (
        "2000 mA", "2000 mA", "6 ampères", "4 Ohm", "10000 µs", "i = 6·(1-e^(-100·t)) + 2·e^(-100·t) A", "4.53 A",
        "720 mJ", "200 mA", "15 msec", "0.2exp(-t/15e-3) A", "28.0 ms",
    ),
    "S0010": (
        "2 A", "2 A", "6 A", "4 ohms", "10 ms", "6-4^(-100t) A", "3.47 A", ".72 J",
        "200 mA", "15 ms", "(200e^(-66.7t))u(t) mA", "20.8 ms",
    ),
    "S0011": (
        "2 A", "2 A", "6 A", "4 ohm", "10 ms", "6 - 4e^(-R_th*t/L1) A", "4.53 A", "1.44 J",
        (date(2025, 1, 5), A), "L1/(R1+R2) = 15 ms", "Vs/R1*e^(-(R1+R2)t/L1)", "20.8 ms",
    ),
    "S0012": (
        "2 A", "2 A", "6 A", "4 ohm", "10 ms", Raised("2+4(1-e", "-100t", ") A, t>0"), "4.53 A", "0.7 J",
        "0.2 A", "15 ms", "200·2^(-t/10.4ms) mA", "20.8 ms",
    ),
    # -- about a third: one or two ideas missing ----------------------------------------------------
    "S0013": (
        "0 A", "0 A", "6 A", "4 ohm", "10 ms", "6(1-e^(-100t)) A", "3.79 A", "0.72 J",
        "200 mA", "10.4 ms", "200e^(-t/10.4ms) mA", "",
    ),
    "S0014": (
        "2 A", "2 A", "6 A", "6 ohm", "6.67 ms", "6-4e^(-150t) A", "5.11 A", "0.72 J",
        "200 mA", "15 ms", "200e^(-0.015t) mA", "-20.8 ms",
    ),
    "S0015": (
        "2", "2", "6", "4.5", "8.89", "6-4e^(-112.5t)", "4.70", "0.72",
        "0.2 A", "15 ms", "0.2e^(-66.7t) A", "20.8 ms",
    ),
    "S0016": (
        "2 A", "2 A", "6 A", "3+6+2 = 11 ohm", "3.64 ms", "6-4e^(-275t) A", "5.74 A", "0.72 J",
        "200 mA", "15 ms", "-200e^(-66.7t) mA", "20.8 ms",
    ),
    "S0017": (
        "2 A", "2 A", "6 A", "4 ohm", "R/L = 4/0.04 = 100 s", "6-4e^(-t/100) A", "2.00 A", "0.72 J",
        "200 mA", "66.7 s", "200e^(-t/66.7) mA", "92.5 s",
    ),
    "S0018": (
        "2 A", "2 A", "6 A", "4 ohm", "50 ms", "6-4e^(-20t) A", "2,73 A", "0,72 J",
        "200 mA", "75 ms", "200e^(-13,33t) mA", "104 ms",
    ),
    "S0019": (
        "2 A", "6 A", "2 A", "4 Ω", "10 ms", "2+4e^(-100t) A", "3.47 A", "0.08 J",
        "200 mA", "15 ms", "200e^(-t/15ms) mA", "20.8 ms",
    ),
    "S0020": (
        "2 A", "2 A", "6 A", "4 ohm", "10 ms", "6-4e^(100t) A", "4.53 A", "0.72 J",
        "200 mA", "15 ms", "0.2e^(66.7t) A", "20.8 ms",
    ),
    "S0021": (
        "2 A", "2 A", "6 A", "4 ohm", "10 ms", "6(1-e^(-100t)) A", "3.79 A", "0.72 J",
        "200 mA", "15 ms", "200(1-e^(-66.7t)) mA", "4.32 ms",
    ),
    "S0022": (
        "2 A", "2 A", "6 A", "4 ohm", "10 ms", "2e^(-100t) A", "0.736 A", "0.72 J",
        "0.2 mA", "15 ms", "0.2e^(-66.7t) mA", "9.03 ms",
    ),
    "S0023": (
        (2, A), (2, A), (4.2, A), (4, "ohm"), (0.01, "s"), ("4.2-2.2e^(-100t)", A), (3.39, A), (0.353, "J"),
        (0.2, A), (15, "ms"), ("200e^-66.7", "mA"), ("", ""),
    ),
    "S0024": (
        "i(0-) = 2 A\ni(0+) = 2 A", "", "6 A or 6000 mA", "4 Ω (tau = 10 ms)", "8 ms; 10 ms",
        "6-4e^(-100t) A, t>0", "4.53 A; 4.35 A", "0.72 J", "200 mV", "15 ms", "200e^(-66.7t) mV", "20.8 mA",
    ),
    "S0026": (
        "-2 A", "-2 A", "-6 A", "4 ohm", "10 ms", "-6+4e^(-100t) A", "-4.53 A", "0.72 J",
        "-200 mA", "22.5 ms", "-200e^(-44.4t) mA", "31.2 ms",
    ),
    # -- about a third: weak, or hardly anything ----------------------------------------------------
    "S0025": ("0 A", "0 A", "0 A", "11 ohm", "3.64 ms", "0 A", "0 A", "0 J", "200 mA", "", "", ""),
    "S0027": ("",) * 12,
    "S0028": (
        "see attached sketch", "same as before", "???", "", "fast", "I don't know", "-", "n/a",
        "0.2 A", "2.7*180 = 486 s", "0.2e^(-t/486) A", "674 s",
    ),
    "S0029": (
        "2.67 A", "2.67 A", "4.2 A", "13.5 ohm", "2.96 ms", "4.2-1.53e-337.5t A", "4.15 A", "0.084 J",
        "", "", "", "",
    ),
    "S0030": (
        2, 2, 8, 4.5, 8.89, "8-6e^(-t/8.89)", 6.05, 1.28, 200, 15, "200e^(-t/15)", 20.8,
    ),
    "S0031": (
        "2 A", "4.2 A", "4.2 A", "2 ohm", "20 ms", "4.2 A", "4.2 A", "0.353 J",
        "66.7 mA", "15 ms", "66.7e^(-66.7t) mA", "4.3 ms",
    ),
    "S0032": (
        "3 A", "3 A", "12 A", "4 ohm", "0.16 s", "12-9e^(-6.25t) A", "3.55 A", "1/2 x 0.04 x 12^2 = 2.88 J",
        "", "", "", "",
    ),
    "S0033": (
        "<script>alert('lock')</script>", "2 A", '=HYPERLINK("http://harbour.invalid/","6 A")', "4 kohm", "10 µs",
        "6-4e^(-100000t) A", "6 A", "0.72 J", "<img src=x onerror=alert(1)> 0.2 A", "", "", "",
    ),
    "S0036": ("2 A", "", "6 A", "no idea", "10 ms", "", "", "", "0.2 A", "", "", ""),
}  # fmt: skip

FIRST_TRY = ("2 A", "0 A", "6 A", "12 ohm", "", "", "", "", "", "", "", "")
"""What S0012 sent first; the second upload counts."""

STRANGER = ("2 A", "2 A", "6 A", "4 ohm", "10 ms", "6-4e^(-100t) A", "4.53 A", "0.72 J", "", "", "", "")
"""In the files that cannot be given to a student."""
