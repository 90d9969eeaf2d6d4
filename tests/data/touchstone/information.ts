! The extension says nothing of ports here; the keywords do.
[Version] 2.0
# MHz Z RI
[Number of Ports] 2
[Two-Port Data Order] 21_12
[Number of Frequencies] 2
[Number of Noise Frequencies] 1
[Reference] 50 75
[Begin Information]
Free text, even [Manufacturer] keywords, # and 1 2 3.
[End Information]
[Network Data]
1000 60 10 0 20 0 20 40 -5
2000 60 10 0 20 0 20 40 -5
[Noise Data]
1000 0.7 0.64 69 19
[End]
