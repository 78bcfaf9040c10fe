// Package airflow computes the steady flow of air in a duct system: what every
// port and tap should show, and how that changes with anything in the system.
//
//  1. New compiles a duct.System into flat arrays of segments, downstream
//     first (compile.go). A segment is a piece of duct between two taps, a hood
//     with its gate, or a half of the collector.
//  2. Coefs are the numbers that a solve uses: losses, friction, leaks, gates,
//     fan, filter. Coefs() of a model is the page's; Parts() says of what each
//     is made, so that a caller can let each part differ as built.
//  3. State.Solve finds the flow for coefficients and a Config (gates, hoses) by
//     Newton's method on the tree: one sweep from the ports to the collector and
//     one back an iteration, so that the cost is linear in the ducts.
//  4. ProbeAt resolves a point and a quantity; State.Value is what it shows.
//  5. Prepare and Sensitivity give the exact derivatives of a reading by every
//     coefficient, by one adjoint sweep.
//
// The laws of losses, friction, joins, fan and motor, and every number with where
// it comes from, are in package handbook; which ways the air takes is said by
// route. All values are SI: m³/s, Pa (gauge, suction negative), m, kg/m³. A solve
// that does not converge says at which element and leaves its last iterate.
package airflow
