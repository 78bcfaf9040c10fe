package asbuilt

import (
	"lostair/diagnose/airflow"
)

// Priors: how far a sound system lies from its page, and how likely and how
// bad each kind of fault is before anything was read. All are common practice,
// no source, unless a comment says otherwise; `lostair sources` lists them.

// spread is how a kind of part differs from the page: own is the share that
// each part has for itself, family the share that all parts of its family have
// in common, both as standard deviations of the logarithm. added parts differ
// by an amount of K instead.
type spread struct {
	Own, Family float64
	added       bool
	Losses      bool // in proportion to the system file's uncertainty of losses
}

// UsualLosses is the uncertainty of losses at which the spreads below hold.
const UsualLosses = 0.15

// BendPlace is how far the losses of a duct's fittings lie from being spread
// along it, as a share of what there is to know if each stands in one place.
const BendPlace = 0.6

// Spreads: that of bends is what Brodhead and Saum measured on plastic fittings
// (AARST 1996, abstract): 53 % below to 109 % above the handbook, 0.37 of the
// logarithm if these are two standard deviations. They found straight plastic
// pipe 9 to 23 % below it, which the friction's spread holds.
var Spreads = map[airflow.What]spread{
	airflow.Hood:        {Own: 0.15, Family: 0.08, Losses: true},
	airflow.PlainEnd:    {Own: 0.05, Family: 0.08},
	airflow.Friction:    {Own: 0.15, Family: 0.20, Losses: true},
	airflow.Bends:       {Own: 0.30, Family: 0.23, Losses: true},
	airflow.FreeLoss:    {Own: 0.20, Losses: true},
	airflow.Section:     {Own: 0.40, Family: 0.20, Losses: true},
	airflow.Entry:       {Own: 0.10, Family: 0.10, added: true, Losses: true},
	airflow.Passage:     {Own: 0.06, Family: 0.10, added: true, Losses: true},
	airflow.Exchange:    {Own: 0.06, Family: 0.06, Losses: true},
	airflow.OpenGate:    {Own: 0.40, Family: 0.40},
	airflow.ShutGate:    {Own: 0.80, Family: 0.60},
	airflow.Seepage:     {Own: 0.60, Family: 0.80},
	airflow.FanSpeed:    {Own: 0.03},
	airflow.FanPressure: {Own: 0.03},
	airflow.FanMostAir:  {}, // fanless.go
	airflow.FanShape:    {},
	airflow.FanBend:     {added: true},
	airflow.FanTurns:    {Own: 0.30},
	airflow.MotorFull:   {Own: 0.35},
	airflow.MotorIdle:   {Own: 0.30},
	airflow.MotorAmps:   {Own: 0.70},
	airflow.CycloneLoss: {Own: 0.15},
	airflow.FilterLoss:  {Own: 0.30},
	airflow.RoomInlets:  {Own: 0.40},
	airflow.BinShare:    {Own: 0.25, added: true},
}
