// Package command is what the commands have in common: how one is called and what it
// says of a wrong call, its time limit, how its input is loaded, and where and in what
// form its result goes. Each command itself stands in cmd/lostair.
package command
