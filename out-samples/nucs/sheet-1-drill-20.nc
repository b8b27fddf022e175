(Sallow bank queens)
(sheet 1 of 1)
(stock: Birch plywood, 2500 x 1250 mm, 11.9 mm thick)
(program 1 of 2 for this sheet: run them in this order, do not move the sheet)
(T2: 20 mm bit with a centre point, diameter 20 mm, 3000 rev/min)
(T2: set its Z with its point, which reaches 4 mm below its edges, 4.3 mm into the spoilboard)
(X0 Y0: lower-left corner of the sheet, X along its length)
(parts with the inner face up lie as mirror images of their drawings)
(Z0: upper face of the sheet)
(cuts 0.3 mm into the spoilboard, keep screws and clamps out of every cut)
(20 hold-down screws, heads at most 3 mm high: drive them at the marks when it stops for them)
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
(20 x mark for a screw)
G0 X82.17 Y12
Z2
G1 Z-1 F750
G0 Z6
X412.972
Z2
G1 Z-1
G0 Z6
X833.992
Z2
G1 Z-1
G0 Z6
X1265.036
Z2
G1 Z-1
G0 Z6
X1666.008
Z2
G1 Z-1
G0 Z6
X2087.028
Z2
G1 Z-1
G0 Z6
X2488
Z2
G1 Z-1
G0 Z6
Y363.721
Z2
G1 Z-1
G0 Z6
Y846.082
Z2
G1 Z-1
G0 Z6
Y1238
Z2
G1 Z-1
G0 Z6
X2077.004
Z2
G1 Z-1
G0 Z6
X1545.717 Y1187.754
Z2
G1 Z-1
G0 Z6
X1244.988 Y1238
Z2
G1 Z-1
G0 Z6
X823.968
Z2
G1 Z-1
G0 Z6
X402.947
Z2
G1 Z-1
G0 Z6
X613.457 Y665.197
Z2
G1 Z-1
G0 Z6
Y554.656
Z2
G1 Z-1
G0 Z6
X342.802 Y323.525
Z2
G1 Z-1
G0 Z6
X12 Y635.049
Z2
G1 Z-1
G0 Z6
Y1147.557
Z2
G1 Z-1
G0 Z6
X0 Y1250
G0 Z6
M5
(wait until the spindle stands before you reach in)
(drive 20 screws at the marks, heads no wider than 10 mm, none through a part)
M0
(hands out first: the spindle starts when you press start)
G0 Z6
S3000 M3
G4 P4
(9 x queen nuc back, vent, 4 x mating box back, vent)
G0 X92 Y880.062
Z2
G1 Z-7.1 F750
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z2
Y817.35
G1 Z-7.1
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z2
Y755.062
G1 Z-7.1
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z6
X340.094
Z2
G1 Z-7.1
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z2
Y817.35
G1 Z-7.1
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z2
Y880.062
G1 Z-7.1
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z6
X588.188
Z2
G1 Z-7.1
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z2
Y817.35
G1 Z-7.1
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z2
Y755.062
G1 Z-7.1
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z6
X2429.95 Y652.887
Z2
G1 Z-7.1
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z2
Y525.218
G1 Z-7.1
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z2
Y397.549
G1 Z-7.1
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z2
Y269.88
G1 Z-7.1
G0 Z2
Z-6.6
G1 Z-16.2
G0 Z6
(done)
G0 Z6
M5
G0 X0 Y0
(wait until the spindle stands before you reach in)
M30
