"""Compressibility factor of air (Lemmon et al. 2000) from CoolProp: bar, °C, Z."""

from CoolProp.CoolProp import PropsSI

for bar in [1, 2, 5, 8, 9, 10, 13, 20, 40, 60, 80, 100, 150, 200, 250, 300]:
    for celsius in [10, 15, 20, 25, 30, 40]:
        z = PropsSI("Z", "P", bar * 1e5, "T", celsius + 273.15, "Air")
        print(f"{bar}\t{celsius}\t{z:.9f}")
