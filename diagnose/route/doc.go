// Package route says which ways the air takes: the ducts from a port to the
// collector, those that several ports share, and which ports are left open to it
// by a configuration of the gates. It looks at the tree alone and computes no flow.
//
// Ducts and ports are indices into the lists of the system.
package route
