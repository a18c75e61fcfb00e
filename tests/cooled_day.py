"""A small invented day whose louvres were bought for cooling: columns that are compared, and what tufts did."""

SESSION = """\
format = 2
title = "Cooling day (invented)"
vehicle = "../vehicle.toml"
[facility]
speed = "160 km/h"
air_density = "1.225 kg/m^3"
forces = "as read"
[columns]
recorded = ["radiator_pressure_drop", "intake_temperature", "tufts"]
"""
COMPARED = 'compared = ["radiator_pressure_drop"]\n'
RUNS = """\
run,configuration,louvres,wing_angle [deg],front_lift [N],rear_lift [N],drag [N],radiator_pressure_drop [Pa],intake_temperature [degC],tufts
1,base,,,84,260,1150,412,31.2,
2,louvres,open,,40,271,1158,431,31.4,
3,wing,,4,95,-120,1190,410,31.3,attached
4,wing,,8,110,-310,1230,409,31.5,attached
5,base,,,80,255,1148,415,31.9,
6,louvres,open,,46,266,1154,,31.7,
7,wing,,12,118,-330,1290,407,31.2,lifting at the ends
8,wing,,4,92,-126,1193,413,31.0,attached
9,base,,,83,262,1151,411,31.6,
"""
LOUVRES_ALONE = """\
run,configuration,louvres,wing_angle [deg],front_lift [N],rear_lift [N],drag [N],baseline,radiator_pressure_drop [Pa]
1,base,,,54,256,1007,,214
2,wing,,2,60,100,1020,1,213
3,wing,,4,66,-20,1040,1,214
4,wing,,6,72,-120,1060,1,213
5,wing,,8,78,-210,1080,1,214
6,wing,,10,84,-290,1100,1,213
7,wing,,12,90,-360,1120,1,214
8,wing,,14,96,-420,1140,1,213
9,wing,,16,102,-470,1160,1,214
10,louvres,arch,,56,258,1008,1,193
11,base,,,46,253,998,1,216
12,wing,,12,92,-356,1124,1,213
"""
"""Louvres that lower the radiator's pressure drop and do nothing else, and more wings than a report has room for."""
