module lostair

go 1.26
