(Plum lane nucs)
(sheet 1 of 1)
(stock: Birch plywood, 2500 x 1250 mm, 12.1 mm thick)
(program 1 of 2 for this sheet: run them in this order, do not move the sheet)
(T2: 20 mm bit with a centre point, diameter 20 mm, 3000 rev/min)
(T2: set its Z with the cutting edges, a centre point goes deeper by its own length)
(X0 Y0: lower-left corner of the sheet, X along its length)
(Z0: upper face of the sheet)
(cuts 0.3 mm into the spoilboard, keep screws and clamps out of every cut)
(11 hold-down screws, heads at most 3 mm high: drive them where the sheet's plan shows them)
(CAUTION: read the machine's manual, its rules and local rules come before this program)
(wear eye and ear protection, use dust extraction, keep hands and sleeves away)
(check the tool, the zero point, the sheet's thickness and the hold-down before you start)
(run it once in the air above the sheet, stay at the machine, with the stop button in reach)
(stop the spindle and wait until it stands before you touch the sheet or a part)
(parts are held by tabs: do not pull them out while the spindle turns)
G17 G21 G90 G94
G40 G49 G80 G54
(tool 2: 20 mm bit with a centre point)
G0 Z6
S3000 M3
G4 P4
(11 x mark for a screw)
G0 X102.219 Y1147.557
Z2
G1 Z-1 F750
G0 Z6
X352.826
Z2
G1 Z-1
G0 Z6
X633.506 Y1227.951
Z2
G1 Z-1
G0 Z6
X1244.988
Z2
G1 Z-1
G0 Z6
X1866.494
Z2
G1 Z-1
G0 Z6
X2087.028 Y1238
Z2
G1 Z-1
G0 Z6
X1916.615 Y976.721
Z2
G1 Z-1
G0 Z6
X2036.907 Y785.787
Z2
G1 Z-1
G0 Z6
X2097.053 Y363.721
Z2
G1 Z-1
G0 Z6
X2247.417
Z2
G1 Z-1
G0 Z6
X2488 Y534.557
Z2
G1 Z-1
G0 Z6
X2500 Y0
G0 Z6
M5
(drive 11 screws at the marks, heads no wider than 10 mm, none through a part)
M0
G0 Z6
S3000 M3
G4 P4
(2 x entrance gauge, pilot, 8 x back, vent, 4 x front, entrance)
G0 X2116.196 Y290.144
Z2
G1 Z-5.2 F750
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
Y326.938
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X2029.402 Y586.294
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
X1948.902
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
X1832.108
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
X1751.608
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X1594.564 Y742.094
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X1745.214 Y866.138
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
X1837.508 Y825.888
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
Y906.388
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
X1838.77 Y1031.682
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z2
X1758.27
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X1601.226 Y1206.532
Z2
G1 Z-5.2
G0 Z2
Z-4.7
G1 Z-12.4
G0 Z6
X1497.12 Y885.188
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
