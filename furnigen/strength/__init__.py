"""Will it hold, will it stand: beams, sections, loads, creep, columns, frames, standing, uncertainty.

Pure functions of plain numbers (mm, N, kg, degrees); what carries what is found elsewhere and handed in.
Estimates, not certification: local codes and licensed practice decide.
"""
