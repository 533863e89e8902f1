"""Stage 6: findings and stats become text or JSON. A renderer knows neither files nor commands."""
