"""The Doubt view: how sure an answer is when its inputs are not exactly as stated."""
