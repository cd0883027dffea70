"""Densities in g/mL, for any kind of number that adds and multiplies."""

# Sucrose in water: Bubník et al., Sugar Technologists' Manual (1995), p. 164; rows are powers of (t - 20)/100,
# columns are powers of the mass fraction from the first on; kg/m³.
SUCROSE = (
    (385.1761, 135.3705, 40.9299, -3.9646, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.3630, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)
# Water: Kell (1975), J. Chem. Eng. Data 20, 97; kg/m³.
WATER = (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12)

# Room air and the weights that scales are set with, by convention (OIML R 111), g/mL.
AIR, WEIGHTS = 0.0012, 8.0


def sucrose(brix, celsius):
    w, tau = brix / 100, (celsius - 20) / 100
    rho = sum((c * celsius**i for i, c in enumerate(WATER[1:], 1)), WATER[0]) / (1 + 16.887236e-3 * celsius)
    for j, row in enumerate(SUCROSE):
        for i, c in enumerate(row, 1):
            term = c * w**i
            for _ in range(j):
                term = term * tau
            rho = rho + term
    return rho / 1000


def shown_by_a_scale(density):
    """Grams that a scale in air shows for a millilitre: the weights are buoyed up too."""
    return (density - AIR) / (1 - AIR / WEIGHTS)


def self_check():
    """Table of the same manual as two public programs print it, kg/m³ (Brix, °C)."""
    table = {(0, 20): 998.203, (30, 20): 1127.032, (50, 5): 1235.792, (65, 20): 1316.555, (65, 40): 1305.924, (70, 15): 1350.047}
    return max(abs(1000 * sucrose(b, t) - rho) for (b, t), rho in table.items())
