package branch

// Branches is how many branches the rows are kept by.
func (r *Rows) Branches() int { return r.b.n }
