"""Drawing of chart descriptions; nothing here computes an answer."""
