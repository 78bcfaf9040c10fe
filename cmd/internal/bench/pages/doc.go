// Package pages is how the bench page looks: the templates with their style and script,
// what a template is given that more than one page has (a question's answers, a problem,
// a suspect), and how numbers, units and counts are written there. What a page is about
// it does not know.
package pages
