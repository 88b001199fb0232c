"""Energy from irradiance data, for those who have some: needs the extra `irradiance` (pvlib).

It knows no record and no rule. Start at `monthly.monthly_kwh_per_kw`.
"""
