"""As built against plan: readings, the adjustment of measured points, the verdict, and what to do next."""
