// Package indicator says what one survey shows of a few indicators of a system, each
// something that may change between surveys: leakage and obstruction by zone, the
// filter, the fan.
//
// New learns from the surveys taken as sound how the system is built. Each survey is
// then fitted by the indicators near that state, with how the system was built held;
// readings that fit nothing are set aside, unless a fault at their own port explains
// them or they last. Values are SI; changes are counted from the reference.
//
// What the indicators do over many surveys stands in track.
package indicator
