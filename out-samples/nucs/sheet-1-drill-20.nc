(Plum lane nucs)
(sheet 1 of 1)
(stock: Birch plywood, 2500 x 1250 mm, 12.1 mm thick)
(program 1 of 2 for this sheet: run them in this order, do not move the sheet)
(T2: 20 mm bit with a centre point, diameter 20 mm, 3000 rev/min)
(T2: set its Z with the cutting edges, a centre point goes deeper by its own length)
(X0 Y0: lower-left corner of the sheet, X along its length)
(Z0: upper face of the sheet)
(cuts 0.3 mm into the spoilboard, keep screws and clamps out of every cut)
(16 hold-down screws, heads at most 3 mm high: drive them at the marks when it stops for them)
(CAUTION: read the machine's manual, its rules and local rules come before this program)
(wear eye and ear protection, use dust extraction, keep hands and sleeves away)
(check the tool, the zero point, the sheet's thickness and the hold-down before you start)
(run it once in the air above the sheet, stay at the machine, with the stop button in reach)
(stop the spindle and wait until it stands before you touch the sheet or a part)
G17 G21 G90 G94
G40 G49 G80 G54
(tool 2: 20 mm bit with a centre point)
G0 Z6
S3000 M3
G4 P4
(16 x mark for a screw)
G0 X12 Y102.443
Z2
G1 Z-1 F750
G0 Z6
Y413.967
Z2
G1 Z-1
G0 Z6
Y836.033
Z2
G1 Z-1
G0 Z6
Y1238
Z2
G1 Z-1
G0 Z6
X402.947 Y1227.951
Z2
G1 Z-1
G0 Z6
X874.089 Y1238
Z2
G1 Z-1
G0 Z6
X503.19 Y12
Z2
G1 Z-1
G0 Z6
X1044.502
Z2
G1 Z-1
G0 Z6
X1535.692
Z2
G1 Z-1
G0 Z6
X2077.004
Z2
G1 Z-1
G0 Z6
X2488
Z2
G1 Z-1
G0 Z6
Y393.869
Z2
G1 Z-1
G0 Z6
X2016.858 Y504.41
Z2
G1 Z-1
G0 Z6
X1375.304 Y1238
Z2
G1 Z-1
G0 Z6
X1666.008
Z2
G1 Z-1
G0 Z6
X2026.883 Y1117.41
Z2
G1 Z-1
G0 Z6
X2500 Y1250
G0 Z6
M5
(drive 16 screws at the marks, heads no wider than 10 mm, none through a part)
M0
G0 Z6
S3000 M3
G4 P4
(4 x front, entrance, 2 x entrance gauge, pilot, 8 x back, vent)
G0 X2376.208 Y493.394
Z2
G1 Z-5.2 F750
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
Y245.3
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X1997.952 Y1054.432
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
X2007.952 Y1201.226
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X1798.358 Y1164.932
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
Y1084.432
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X1550.264
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
Y1164.932
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X1302.17
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
Y1084.432
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X1054.076
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
Y1164.932
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
X961.782 Y1124.682
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X713.688
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
(done)
G0 Z6
M5
G0 X0 Y0
M30
