package duct

// compressed holds how far a hose is compressed to what is possible, and to a hose.
func (c *checker) compressed(d *Duct, m *ductMarks, who string) {
	if d.Compressed != 0 && d.Material != "flexible" {
		c.add(m.pos("compressed"), who+" is compressed and no hose", "leave it out, or write material: flexible")
		return
	}
	c.share(&m.marks, "ducts", "compressed", who, d.Compressed)
}

// lining holds a lining to a hose.
func (c *checker) lining(d *Duct, m *ductMarks, who string) {
	if d.Lined && d.Material != "flexible" {
		c.add(m.pos("lining"), who+" has a lining and is no hose", "leave it out, or write material: flexible")
	}
}
