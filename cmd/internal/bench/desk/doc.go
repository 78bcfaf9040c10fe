// Package desk is one request to the bench page, with the files of its shop as they are
// now: it reads the system file and the surveys, has the library say what a survey means,
// writes back, takes back, shows a page, or says what went wrong. What the places do with
// it stands in the packages above. Bare numbers of a file are in the file's own units,
// those of a System or a Survey in SI.
package desk
