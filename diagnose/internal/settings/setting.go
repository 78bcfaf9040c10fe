package settings

import (
	"lostair/diagnose/airflow"
	"lostair/readings"
)

// Setting is a gate setting, as a configuration and in the words of a readings file.
type Setting struct {
	Cfg  airflow.Config
	Open readings.Open
}
