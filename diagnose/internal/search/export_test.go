package search

var (
	Promising = promising
	ThinnedTo = thinnedTo
	ReadNear  = readNear
)
