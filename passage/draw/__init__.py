"""Charts and figures drawn with matplotlib and cartopy, the same for whoever shows them."""
