// Package plan chooses the readings of a round that tell most for the minutes
// they take, and says what a sound system would show there.
//
// Plan starts from the system, and from surveys if there are any; Ranges says for
// given rows what nine in ten sound systems show. Values are SI, times minutes.
//
// A plant's readings are offered port by port, which grows with more than the square
// of its size. From some 80 ports only what tells most of each setting with one port
// open is weighed against the rest: rounds of 30 and 40 readings on 60 to 160 ports
// tell as much for their time, and 300 ports take 4 s instead of 27. From some 1200
// ports evenly many stand open alone, and what is weighed fits into a bounded memory:
// 5000 ports in one main take 10 s of processor time and 600 MB.
package plan
