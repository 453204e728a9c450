"""byeye."""
