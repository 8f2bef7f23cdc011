"""Rows of the published tables as they were collected and read; what ships is held to them.

Sources stand below each block. The blocks hold the collected figures, not what is shipped.
"""

TABLE_5 = """\
18 10 10 15 20 20 25 25
16 15 15 20 25 25 30 35
14 20 20 25 30 35 40 45
12 25 25 35 40 45 50 55
10 40 40 50 55 60 70 70
8 55 65 70 70 80 90 100
6 80 95 100 100 120 125 135
4 105 125 130 135 160 170 180
3 120 145 150 155 180 195 210
2 140 170 175 180 210 225 240
1 165 195 210 210 245 265 280
1/0 195 230 245 245 285 305 325
2/0 225 265 285 285 330 355 370
3/0 260 310 330 330 385 410 430
4/0 300 360 385 385 445 475 510
"""
"""33 CFR 183.425 Table 5: gauge, then amperes at 60, 75, 80, 90, 105, 125, 200 °C."""

ENGINE_SPACE = """\
60 0.58 memory
75 0.75 memory
80 0.78 memory
90 0.82 memory
105 0.85 verified
125 0.89 memory
200 1.0 memory
"""
"""Table 5 note 1: insulation °C, factor; 105 °C read in a reprint, the rest from memory."""

BUNDLING = """\
3 3 0.7
4 6 0.6
7 24 0.5
25 - 0.4
"""
"""Table 5 note 2, Coast Guard guideline reprint: conductors from, to, factor."""

NEC_TABLE_8 = """\
18 1620 7 7.95 8.45
16 2580 7 4.99 5.29
14 4110 7 3.14 3.26
12 6530 7 1.98 2.05
10 10380 7 1.24 1.29
8 16510 7 0.778 0.809
6 26240 7 0.491 0.510
4 41740 7 0.308 0.321
3 52620 7 0.245 0.254
2 66360 7 0.194 0.201
1 83690 19 0.154 0.160
1/0 105600 19 0.122 0.127
2/0 133100 19 0.0967 0.101
3/0 167800 19 0.0766 0.0797
4/0 211600 19 0.0608 0.0626
"""
"""NEC chapter 9 Table 8, 75 °C: gauge, circular mils, strands, Ω per 1000 ft uncoated and coated."""

IEC_CLASS_5 = """\
0.5 39.0 40.1
0.75 26.0 26.7
1 19.5 20.0
1.5 13.3 13.7
2.5 7.98 8.21
4 4.95 5.09
6 3.30 3.39
10 1.91 1.95
16 1.21 1.24
25 0.780 0.795
35 0.554 0.565
50 0.386 0.393
70 0.272 0.277
95 0.206 0.210
120 0.161 0.164
150 0.129 0.132
185 0.106 0.108
240 0.0801 0.0817
"""
"""IEC 60228 class 5 at 20 °C: mm², Ω/km plain and tinned."""

IEC_CLASS_2 = """\
0.5 36.0 36.7
0.75 24.5 24.8
1 18.1 18.2
1.5 12.1 12.2
2.5 7.41 7.56
4 4.61 4.70
6 3.08 3.11
10 1.83 1.84
16 1.15 1.16
25 0.727 0.734
35 0.524 0.529
50 0.387 0.391
70 0.268 0.270
95 0.193 0.195
120 0.153 0.154
150 0.124 0.126
185 0.0991 0.100
240 0.0754 0.0762
"""
"""IEC 60228 class 2 at 20 °C: mm², Ω/km plain and tinned."""

SAE_AREA = """\
18 1537
16 2336
14 3702
12 5833
10 9343
8 14810
6 24538
4 37360
2 62450
1 77790
1/0 98980
2/0 125100
3/0 158600
4/0 205500
"""
"""Smallest SAE areas in circular mils, from memory."""

INTERRUPTING = """\
12-24 0 650 1500 750 verified
12-24 651 1100 3000 1500 verified
12-24 1101 - 5000 2500 verified
32 0 1250 3000 1500 memory
32 1251 - 5000 2500 memory
"""
"""ABYC E-11 interrupting capacity: system, cranking amperes from and to, main and branch amperes, status."""

STARTING = """\
12 I 8 9.5 5 15 50 1 40 2
12 II 4.5 6.5 5 15 50 10 100 2
12 III 3 5 5 15 50 1 100 2
12 IV 6 6.5 5 15 50 10 100 2
24 I 10 20 10 50 50 1 40 2
24 II 8 15 10 50 50 10 100 2
24 III 6 10 10 50 50 1 40 2
"""
"""ISO 16750-2 starting profile: system V, level, V, V, then ms, ms, ms, s, ms and ripple Hz."""

REST_VOLTAGE = """\
flooded 100 12.65
flooded 75 12.45
flooded 50 12.24
flooded 25 12.06
flooded 0 11.89
agm 100 12.8
agm 75 12.6
agm 50 12.3
agm 25 12.0
agm 0 11.8
gel 100 12.85
gel 75 12.65
gel 50 12.35
gel 25 12.0
gel 0 11.8
lifepo4 100 13.6
lifepo4 90 13.4
lifepo4 70 13.3
lifepo4 40 13.2
lifepo4 30 13.0
lifepo4 20 12.8
lifepo4 10 12.0
lifepo4 0 10.0
"""
"""Rest voltage of 12 V batteries at 25 °C, from memory; LiFePO4 from charts that agree within 0.1 V."""

RULES = """\
ocp_at_source|0|in|verified
ocp_7in|7|in|verified
ocp_40in|40|in|verified
ocp_150pct_lt50V|150|% of Table 5|verified
ocp_100pct_ge50V|100|% of Table 5|verified
ocp_voltage|||partly
ocp_exempt|||memory
battery_72in|72|in|memory
alternator_120pct|120|% of max rated current at 60 C|memory
min_size_single|16|AWG|verified
min_size_sheath|18|AWG|verified
sheath_exit_18awg|30|in|verified
stranded_copper|||verified
surge_exemption|||verified
conductor_exempt|||verified
grounding|||verified
battery_hold|1|in|verified
battery_fuel_shield|12|in|verified
battery_terminal|||verified
terminal_boot|||verified
abrasion|||verified
lt50V_conductor|||memory
ge50V_conductor|||verified
ignition_secondary|||memory
e11_7in|7|in|verified
e11_starter|||verified
e11_72in|72|in|verified
e11_40in|40|in|verified
e11_pigtail|7|in|verified
e11_alternator|40|in|verified
e11_100pct|100|% of ampacity|verified
e11_genset_120|120|%|verified
e11_locked_rotor|7|h|verified
e11_switch_cca|800|CCA|verified
e11_switch_intermittent|||verified
e11_switch_continuous|||verified
e11_neg_bus|||verified
e11_two_wire|||verified
e11_stud|4|terminals|verified
e11_support|18|in|verified
e11_friction|50|mV at 20 A|verified
e11_bundle_dc|0.7|factor|partly
e11_min_size|16|AWG|partly
iso_min_size|1.0|mm2|verified
iso_support|450|mm|verified
iso_ocp_200mm|200|mm|partly
iso_3pct|3|%|verified
"""
"""Overcurrent and installation rules: id, value, unit, status; "partly" verified counts as from memory."""
