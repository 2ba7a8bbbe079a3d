// Package compare sets days side by side: two of them, or one tub, fleece, type, method or
// cover over many.
//
// A figure of a chart is that of a day: batches of one day are alike, and the step from one
// to the next would make the limits too narrow. How often a chart in which nothing changes
// calls a figure unusual, and tells of a run of eight at its end that is no change
// (go test ./session/compare -run FalseAlarms -v; 4000 charts a row, seed 20261129):
//
//	                               8       12       20       50      100 figures
//	normal                      1.8 %    3.0 %    4.8 %   12.6 %   23.3 %
//	  a run alone               0.0      0.1      0.1      0.3      0.5
//	each after the last, 0.3    3.8      8.4     16.1     40.6     66.5
//	each after the last, 0.6    9.2     21.9     46.2     87.1     98.5
//	exponential, as waits       6.5     18.7     40.4     81.1     96.5
//
// So minutes waited, which end at 0 and have a long tail, get no limits. Days that take after
// each other (a tap that turns cold for the winter) call more unusual than by chance: that is
// a change too, and the words say no more than that it is one. The run of eight is worth its
// place: of changes by 1.5 standard deviations it alone tells 11 in 100 among 20 days, 24
// among 50.
package compare
