package diagnose

import "lostair/diagnose/airflow"

// Priors: how far a sound system lies from its page, and how likely and how
// bad each kind of fault is before anything was read. All are common practice,
// no source, unless a comment says otherwise; `lostair sources` lists them.

// spread is how a kind of part differs from the page: own is the share that
// each part has for itself, family the share that all parts of its family have
// in common, both as standard deviations of the logarithm. added parts differ
// by an amount of K instead.
type spread struct {
	own, family float64
	added       bool
	losses      bool // in proportion to the system file's uncertainty of losses
}

// usualLosses is the uncertainty of losses at which the spreads below hold.
const usualLosses = 0.15

// bendPlace is how far the losses of a duct's fittings lie from being spread
// along it, as a share of what there is to know if each stands in one place.
const bendPlace = 0.6

var spreads = map[airflow.What]spread{
	airflow.Hood:        {own: 0.15, family: 0.08, losses: true},
	airflow.PlainEnd:    {own: 0.05, family: 0.08},
	airflow.Friction:    {own: 0.15, family: 0.20, losses: true},
	airflow.Bends:       {own: 0.20, family: 0.20, losses: true},
	airflow.FreeLoss:    {own: 0.20, losses: true},
	airflow.Section:     {own: 0.40, family: 0.20, losses: true},
	airflow.Entry:       {own: 0.10, family: 0.12, added: true, losses: true},
	airflow.Passage:     {own: 0.06, family: 0.10, added: true, losses: true},
	airflow.Exchange:    {own: 0.06, family: 0.06, losses: true},
	airflow.OpenGate:    {own: 0.40, family: 0.40},
	airflow.ShutGate:    {own: 0.70, family: 0.50},
	airflow.Seepage:     {own: 0.60, family: 0.80},
	airflow.FanSpeed:    {own: 0.03},
	airflow.FanPressure: {own: 0.03},
	airflow.CycloneLoss: {own: 0.15},
	airflow.FilterLoss:  {own: 0.30},
}
