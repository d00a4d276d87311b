"""A heap told in one document (bin, fill, weather, actions), read into what the model runs on."""
