(Harrow bank National nucs)
(sheet 1 of 1)
(stock: Birch plywood, 2500 x 1250 mm, 12.1 mm thick)
(program 1 of 2 for this sheet: run them in this order, do not move the sheet)
(T2: 20 mm bit with a centre point, diameter 20 mm, 3000 rev/min)
(X0 Y0: lower-left corner of the sheet, X along its length)
(Z0: upper face of the sheet)
(cuts 0.3 mm into the spoilboard; keep screws and clamps out of every cut)
(CAUTION: read the machine's manual; its rules and local rules come before this program)
(wear eye and ear protection, use dust extraction, keep hands and sleeves away)
(check the tool, the zero point, the sheet's thickness and the hold-down before you start)
(run it once in the air above the sheet; stay at the machine, with the stop button in reach)
(stop the spindle and wait until it stands before you touch the sheet or a part)
(parts are held by tabs: do not pull them out while the spindle turns)
G17 G21 G90 G94
G40 G49 G80 G54
(tool 2: 20 mm bit with a centre point)
S3000 M3
G4 P4
G0 Z6
(front, entrance)
X1159.527 Y119.319
Z1
G1 Z-9 F750
G0 Z1
Z-8.5
G1 Z-12.4
G0 Z1
Z6
(front, entrance)
Y348.751
Z1
G1 Z-9
G0 Z1
Z-8.5
G1 Z-12.4
G0 Z1
Z6
(back, vent)
X1081.527 Y578.183
Z1
G1 Z-9
G0 Z1
Z-8.5
G1 Z-12.4
G0 Z1
Z6
(back, vent)
Y807.615
Z1
G1 Z-9
G0 Z1
Z-8.5
G1 Z-12.4
G0 Z1
Z6
(done)
M5
G0 X0 Y0
M30
