(Harrow bank National nucs)
(sheet 1 of 1)
(stock: Birch plywood, 2500 x 1250 mm, 12.1 mm thick)
(program 1 of 2 for this sheet: run them in this order, do not move the sheet)
(T2: 20 mm bit with a centre point, diameter 20 mm, 3000 rev/min)
(T2: set its Z with the cutting edges, a centre point goes deeper by its own length)
(X0 Y0: lower-left corner of the sheet, X along its length)
(Z0: upper face of the sheet)
(cuts 0.3 mm into the spoilboard, keep screws and clamps out of every cut)
(13 hold-down screws, heads at most 3 mm high: drive them at the marks when it stops for them)
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
(13 x mark for a screw)
G0 X102.219 Y12
Z2
G1 Z-1 F750
G0 Z6
X12 Y413.967
Z2
G1 Z-1
G0 Z6
X212.486 Y444.115
Z2
G1 Z-1
G0 Z6
X62.121 Y856.131
Z2
G1 Z-1
G0 Z6
X12 Y1238
Z2
G1 Z-1
G0 Z6
X352.826 Y1137.508
Z2
G1 Z-1
G0 Z6
X523.239 Y795.836
Z2
G1 Z-1
G0 Z6
X1044.502 Y1238
Z2
G1 Z-1
G0 Z6
X1244.988
Z2
G1 Z-1
G0 Z6
X1184.842 Y494.361
Z2
G1 Z-1
G0 Z6
X623.482 Y12
Z2
G1 Z-1
G0 Z6
X864.065
Z2
G1 Z-1
G0 Z6
X1455.498
Z2
G1 Z-1
G0 Z6
X2500 Y0
G0 Z6
M5
(drive 13 screws at the marks, heads no wider than 10 mm, none through a part)
M0
G0 Z6
S3000 M3
G4 P4
(2 x back, vent, 2 x front, entrance)
G0 X1318.582 Y596.183
Z2
G1 Z-5.2 F750
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X1177.527 Y366.751
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X1319.646 Y137.319
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
X1177.527
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
