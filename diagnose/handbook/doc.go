// Package handbook holds what a handbook of ducts holds: the laws by which air is
// dense, rubs along a duct, loses pressure in fittings, joins, gates and hoods,
// leaks through holes, and is moved by a fan and its motor; and the numbers of
// these laws.
//
// Each law is a function of what a page says of one part; what flows where is
// airflow's. Facts lists every number and formula with its source, also those that
// stand in airflow. Roughnesses and hoods by name stand in duct/trade.
//
// All values are SI: m³/s, Pa, m, kg/m³, K, angles in radians. A loss K is a factor
// on a velocity pressure; its comment says on which.
package handbook
