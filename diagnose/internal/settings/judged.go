package settings

import (
	"lostair/diagnose/airflow"
	"lostair/readings"
)

// Setting is a gate setting in which velocities are judged.
type Setting struct {
	Cfg  airflow.Config
	Open readings.Open
}
